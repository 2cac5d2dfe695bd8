"""The guided job from as found to as left: its steps, where it stands, its sweeps, and what they say."""
