"""Real commands in processes of their own, over real files and sockets."""
