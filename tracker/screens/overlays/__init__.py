"""What covers a place until it is answered or closed."""
