"""How benchmark cases came out."""
