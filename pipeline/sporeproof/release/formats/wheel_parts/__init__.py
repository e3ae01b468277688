"""The parts of the Python package in a release."""
