"""What keys mean on each page: one talk a page, all at one table. No screen, and nothing painted but rows."""
