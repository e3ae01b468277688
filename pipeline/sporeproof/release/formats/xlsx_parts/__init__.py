"""What the workbook is made of."""
