"""The maker's papers become a kit: parts lists and placement files read, their doubts settled."""
