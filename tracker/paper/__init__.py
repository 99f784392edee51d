"""QR images and label sheets."""
