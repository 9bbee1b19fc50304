"""A design -> weighed lines: base, preservative, plan, weighing, money, label, record."""

from blendlab.batch.cooking import BaseFigures, cook, figures
from blendlab.batch.inci import ORDER_UNKNOWN, IngredientList, ingredients
from blendlab.batch.kitchen import Progress, display, gate_opens, judge, progress
from blendlab.batch.label import Label, Maker, NetWeight, label, net_weight
from blendlab.batch.plan import plan
from blendlab.batch.pricing import Costed, Rates, price_plan
from blendlab.batch.release_points import UNWEIGHED, Evidence, open_points
from blendlab.batch.safety_assessment import Family, outside
from blendlab.batch.sheet import Line, Plan, Portion, Step, plan_from
from blendlab.batch.stock import stock_findings
from blendlab.batch.whip import Density, filled_density, taken_mix, whipped_density

__all__ = [
    "ORDER_UNKNOWN",
    "UNWEIGHED",
    "BaseFigures",
    "Costed",
    "Density",
    "Evidence",
    "Family",
    "IngredientList",
    "Label",
    "Line",
    "Maker",
    "NetWeight",
    "Plan",
    "Portion",
    "Progress",
    "Rates",
    "Step",
    "cook",
    "display",
    "figures",
    "filled_density",
    "gate_opens",
    "ingredients",
    "judge",
    "label",
    "net_weight",
    "open_points",
    "outside",
    "plan",
    "plan_from",
    "price_plan",
    "progress",
    "stock_findings",
    "taken_mix",
    "whipped_density",
]
