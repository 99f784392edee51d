"""One module for each section of a build file: from its table to its values of the model."""
