"""Labels, and the screen that prints them."""
