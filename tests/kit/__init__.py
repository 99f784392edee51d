"""Drives the screens under test: a display (or none), a simulated hand, a clock, and measurements in millimetres.

Import nothing but `kit.display` before a window exists: the rest needs Kivy.
"""
