"""The touch screens: the only package that knows Kivy."""
