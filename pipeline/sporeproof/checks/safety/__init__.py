"""Rules whose breach can hurt somebody. They cannot be excused."""
