"""The whole design judged once: tones, layout, scent limits, label names, findings worst first.

Every page, card, command and test reads the same Assessment.
"""

from blendlab.assess.assessment import Assessment, ToneJudged
from blendlab.assess.judgement import assess
from blendlab.assess.scent_checks import with_additions

__all__ = ["Assessment", "ToneJudged", "assess", "with_additions"]
