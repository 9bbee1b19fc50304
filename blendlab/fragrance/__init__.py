"""fragrance"""
