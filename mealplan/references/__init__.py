"""Published numbers, one CSV per publication, and the typed readers over them."""
