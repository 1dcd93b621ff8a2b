"""What keeps the store: bundles, backups and open copies, keys, looking after what is left behind, health."""
