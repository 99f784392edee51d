"""What a scanned code means, and what is said of the codes in a picture."""
