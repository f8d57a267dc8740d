"""From a kit and a procedure to stages and steps."""
