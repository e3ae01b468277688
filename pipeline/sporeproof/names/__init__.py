"""What a binomial is today: reads names, takes answers from checklists, and says what they mean for us."""
