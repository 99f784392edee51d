"""Drives the screens under test: a display (or none), a hand, a clock, and eyes that measure in millimetres.

Import nothing but `kit.display` before a window exists: the rest needs Kivy.
"""
