"""The one room where kit, plan and log meet: a build that can be worked on, and what to show of it."""
