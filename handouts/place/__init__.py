"""What is known of a place comes in (a zone, coordinates, dates, files); an honest profile goes out."""
