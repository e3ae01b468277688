"""Reports: what a finding looks like in each format, whatever stands in it."""
