"""The shelf: register, outlook, winter store, food."""
