"""What goes out: the data package, its version, its news."""
