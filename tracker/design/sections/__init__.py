"""One module for each section of a build file: it reads the section's table into values of the model."""
