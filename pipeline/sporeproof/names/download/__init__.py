"""How a file that a stranger may have made is unpacked and looked through, so that nothing in it can do harm."""
