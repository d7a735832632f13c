"""Sheets on paper: pages laid out in points, and the same pages as PDF, SVG, PNG, on a printer and on screen."""
