"""The invented boat-and-trailer workshop that shows the main job.

Its files lie in ``workshop/``: a drawer and jobs, every value invented.
"""
