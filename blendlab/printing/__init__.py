"""printing"""
