"""What a scanned code means, and the report on the codes in a picture."""
