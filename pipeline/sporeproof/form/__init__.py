"""What may be said: reads ``schema/`` and answers questions about it. Rules ask here, they hold no such words."""
