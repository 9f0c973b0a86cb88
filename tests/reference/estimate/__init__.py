"""Checks of the main job from outside: prices, practice, refusals and sameness, through the service and the command."""
