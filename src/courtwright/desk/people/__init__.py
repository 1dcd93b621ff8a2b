"""Who gets in: people and their roles, sessions, invitations, one-time entries; the company they work for."""
