"""What archives of checklists share: tables of text in a ZIP, names as usages, facts in words."""
