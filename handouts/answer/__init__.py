"""A viewer's question in, the right checked answer or an honest abstention out."""
