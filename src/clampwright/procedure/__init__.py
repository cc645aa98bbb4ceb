"""From the written text to stages, and the stages against physics."""
