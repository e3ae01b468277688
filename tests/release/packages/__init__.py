"""Tests of the packages for programmers."""
