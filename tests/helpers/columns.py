"""One column of a sweep, read from what is typed."""

from detentsim.knife.table.columns import read_columns


def column(name, given):
    (found,) = read_columns({name: given})
    return found
