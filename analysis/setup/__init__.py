"""What was declared of part, gauge, encoder and limit, field by field; knows no reading."""
