"""From a video of a rig with coloured dots to a log of what it did; OpenCV is imported only here."""
