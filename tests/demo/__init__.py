"""The demo household: read without a mistake, and every figure that is known of it."""
