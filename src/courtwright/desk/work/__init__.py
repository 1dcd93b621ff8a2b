"""Long work: asked for once, leased to worker processes, watched, kept with what it means."""
