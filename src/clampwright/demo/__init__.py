"""The invented boat-and-trailer workshop that shows the main job."""
