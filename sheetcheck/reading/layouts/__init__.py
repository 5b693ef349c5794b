"""The shapes that sheets have, one file each. A layout takes the cells it explains and reports its evidence."""
