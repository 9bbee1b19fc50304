"""tint"""
