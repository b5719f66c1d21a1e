"""Records and a season in, Documents out."""
