"""The pages and the API for the bench, served on the workshop's own machine."""
