"""What a reading says: verdicts against limits, windows of regulators, tracking of oscillators."""
