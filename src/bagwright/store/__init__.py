"""The data of players and visits, kept in one database: SQLite by default, PostgreSQL by URL."""
