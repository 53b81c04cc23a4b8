"""From a table of text to records: columns, cells, dates, questions."""
