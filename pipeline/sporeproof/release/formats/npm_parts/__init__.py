"""The parts of the npm package in a release."""
