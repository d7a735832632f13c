"""The page: what stands where (plain Python), and the painters that draw it."""
