"""The five-coupon set: a plate's size in, five placed coupons out, and the files a slicer takes.

``design`` decides sizes and places, ``solid`` turns a coupon into a watertight mesh, ``files`` writes STL and 3MF,
``note`` says how to print and measure.
"""

from core.coupons.design import Coupon, CouponSet, Shape, design_coupons
from core.coupons.files import to_3mf, to_stl
from core.coupons.note import printing_note
from core.coupons.solid import Patch, Solid, raise_solid
from core.coupons.standing import prints_mirrored, reading_order

__all__ = [
    "Coupon",
    "CouponSet",
    "Patch",
    "Shape",
    "Solid",
    "design_coupons",
    "printing_note",
    "prints_mirrored",
    "raise_solid",
    "reading_order",
    "to_3mf",
    "to_stl",
]
