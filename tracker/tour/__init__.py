"""The tour: the real app driven by touches, with a picture of every screen."""
