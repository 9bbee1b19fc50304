"""blendlab: the colour and the scent of a jar, designed before anything is mixed."""
