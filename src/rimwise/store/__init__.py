"""Records kept: one SQLite file, migrations, backups, import and export."""
