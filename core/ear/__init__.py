"""Ear work cut from the open chart: drills, questions, answers, what was confused with what, and when to ask again."""
