"""Where a fault mostly is: suspects for a complaint or a reading, in the order of looking."""
