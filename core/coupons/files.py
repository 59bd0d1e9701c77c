"""A coupon set in, the bytes of a file that a slicer takes out: binary STL, or 3MF.

Equal sets give equal bytes. 3MF follows the 3MF Core Specification, version 1.3, and Open Packaging Conventions
(ECMA-376, part 2). This file must never know paths, nor why a coupon looks as it does.
"""

from collections.abc import Iterator
from io import BytesIO
from zipfile import ZIP_STORED, ZipFile, ZipInfo

import numpy as np

from core.coupons.design import Coupon, CouponSet
from core.coupons.solid import raise_solid

_STL_HEADER = b"platewright coupons, mm"
"""Not to begin with ``solid``, by which readers know the text form."""
_STL_TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])

_MODEL_PART = "3D/3dmodel.model"
_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>\n"
)
_RELATIONSHIPS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    f'<Relationship Target="/{_MODEL_PART}" Id="rel0" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    "</Relationships>\n"
)
_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The first time a zip archive can state."""
_UNIX = 3
_PLAIN_FILE = 0o100644 << 16


def to_stl(coupon_set: CouponSet) -> bytes:
    """Return one binary STL of all five: mm, x right, y back, z up, middle of the plate's face at the origin."""
    facets = np.concatenate([_facets(coupon) for coupon in coupon_set.coupons])
    records = np.zeros(len(facets), dtype=_STL_TRIANGLE)
    records["corners"] = facets
    normals = np.cross(facets[:, 1] - facets[:, 0], facets[:, 2] - facets[:, 0])
    # Adding zero turns -0 into 0.
    records["normal"] = normals / np.linalg.norm(normals, axis=1, keepdims=True) + 0.0
    return _STL_HEADER.ljust(80, b"\0") + len(records).to_bytes(4, "little") + records.tobytes()


def to_3mf(coupon_set: CouponSet) -> bytes:
    """Return a 3MF document: one object for each coupon, named for its place, set on the plate by its build item.

    The specification puts the origin at the plate's front left corner (section 3.1), so the whole set lies half a plate
    further right and back than in the STL.
    """
    out = BytesIO()
    # Stored rather than deflated: compressors differ from build to build, and the bytes shall not.
    with ZipFile(out, "w", ZIP_STORED) as archive:
        for name, text in (
            ("[Content_Types].xml", _CONTENT_TYPES),
            ("_rels/.rels", _RELATIONSHIPS),
            (_MODEL_PART, "\n".join(_model(coupon_set))),
        ):
            entry = ZipInfo(name, _EARLIEST)
            entry.create_system, entry.external_attr = _UNIX, _PLAIN_FILE
            archive.writestr(entry, text.encode())
    return out.getvalue()


def _facets(coupon: Coupon) -> np.ndarray:
    """Return the corners of the coupon's triangles on the plate, shape (n, 3, 3), mm."""
    solid = raise_solid(coupon.patches())
    points = np.array(solid.points) + np.array([coupon.x_mm, coupon.y_mm, 0.0])
    facets: np.ndarray = points[np.array(solid.triangles)]
    return facets


def _model(coupon_set: CouponSet) -> Iterator[str]:
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield f'<model unit="millimeter" xml:lang="en-US" xmlns="{_CORE}">'
    yield "<resources>"
    for coupon in coupon_set.coupons:
        yield from _object(coupon)
    yield "</resources>"
    yield "<build>"
    for coupon in coupon_set.coupons:
        right = _number(coupon.x_mm + coupon_set.plate_width_mm / 2)
        back = _number(coupon.y_mm + coupon_set.plate_depth_mm / 2)
        yield f'<item objectid="{coupon.dots}" transform="1 0 0 0 1 0 0 0 1 {right} {back} 0"/>'
    yield "</build>"
    yield "</model>\n"


def _object(coupon: Coupon) -> Iterator[str]:
    solid = raise_solid(coupon.patches())
    yield f'<object id="{coupon.dots}" type="model" name="{coupon.position.value}">'
    yield "<mesh>"
    yield "<vertices>"
    for x, y, z in solid.points:
        yield f'<vertex x="{_number(x)}" y="{_number(y)}" z="{_number(z)}"/>'
    yield "</vertices>"
    yield "<triangles>"
    for a, b, c in solid.triangles:
        yield f'<triangle v1="{a}" v2="{b}" v3="{c}"/>'
    yield "</triangles>"
    yield "</mesh>"
    yield "</object>"


def _number(value: float) -> str:
    """Return a decimal to a nanometre, without an exponent, as ST_Number and every reader takes it."""
    return f"{value + 0.0:.6f}".rstrip("0").rstrip(".")
