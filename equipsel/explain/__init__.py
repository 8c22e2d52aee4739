"""Why there is no kit, and what would make one; why a kit is as it is, and what would make it cheaper."""
