"""What is known of one material, what nobody told of its alkalinity included."""

from ..model.material import Material
from ..model.uncertainty import Ranges, Uncertainty
from .unknown import alkalinity_of


def ranges_of(within: Uncertainty, material: Material, price: float) -> Ranges:
    """What may come of a material, at today's price [money/kg].

    A residual alkalinity that is not known may be whatever its class brings, however little of the
    other ranges is to count.
    """
    return within.of(material, price, alkalinity_of(material))
