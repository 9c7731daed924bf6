"""Pages as a tablet has them: touched, typed into, away from home."""
