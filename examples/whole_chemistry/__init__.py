"""An example of what else goes into soap: milk, beer, acids, potash, lye by the hydrometer."""
