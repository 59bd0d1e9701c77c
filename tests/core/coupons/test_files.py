"""The files hold exactly the designed bodies: judged by trimesh and manifold3d, which know nothing of the design."""

from io import BytesIO
from itertools import combinations

import manifold3d
import numpy as np
import pytest
import trimesh
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.ndimage import label
from scipy.signal import fftconvolve

from core.coupons import design_coupons, to_3mf, to_stl
from core.coupons.design import NOMINAL_MM, PLATE_DEPTH_MM, PLATE_WIDTH_MM

STEP = 0.25
"""Distance of the sampling rays, mm; they pass between the planes of the design, which are multiples of it."""
PLATES = {"regular": (150, 85), "compact": (50, 30)}


def from_stl(made):
    return trimesh.load(BytesIO(to_stl(made)), file_type="stl")


def objects_of_3mf(made):
    """Return each object's own mesh, before it is set on the plate."""
    scene = trimesh.load(BytesIO(to_3mf(made)), file_type="3mf")
    return {name: scene.geometry[name] for name in (coupon.position.value for coupon in made.coupons)}


def rays(mesh, xs, ys):
    """Shoot one vertical ray at each point of a grid; return all hits' heights for each, lowest first."""
    x, y = (axis.ravel() for axis in np.meshgrid(xs, ys))
    origins = np.column_stack([x, y, np.full(x.size, -10.0)])
    places, which, _ = mesh.ray.intersects_location(origins, np.tile([0.0, 0.0, 1.0], (x.size, 1)))
    hits = [[] for _ in range(x.size)]
    for place, ray in zip(places, which, strict=True):
        hits[ray].append(place[2])
    return [sorted(each) for each in hits]


def heights(mesh):
    """Return the height map, rows from front to back."""
    width, depth, _ = mesh.extents
    # A little off the middle of a cell, so that no ray runs along the diagonal of a face.
    xs, ys = np.arange(STEP / 2 + 0.013, width, STEP), np.arange(STEP / 2 - 0.021, depth, STEP)
    hits = rays(mesh, xs, ys)
    assert {len(each) for each in hits} == {0, 2}
    assert all(each[0] == pytest.approx(0, abs=1e-9) for each in hits if each)
    return np.array([each[1] if each else 0.0 for each in hits]).reshape(len(ys), len(xs))


@pytest.fixture(scope="module", params=list(PLATES))
def maps(request):
    made = design_coupons(*PLATES[request.param])
    return [heights(mesh) for mesh in objects_of_3mf(made).values()]


@settings(max_examples=25, deadline=None)
@given(st.floats(*PLATE_WIDTH_MM), st.floats(*PLATE_DEPTH_MM), st.floats(*NOMINAL_MM))
@example(50, 30, 0.5)
@example(400, 400, 2.0)
@example(143.37, 89.61, 1.0)
def test_the_stl_holds_five_closed_bodies_inside_the_plate(width, depth, nominal):
    made = design_coupons(width, depth, nominal)
    mesh = from_stl(made)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    # Coordinates in STL are binary32; out at 200 mm that is a relative step of 1e-5 of a dot.
    assert mesh.volume == pytest.approx(made.volume_mm3, rel=2e-5)
    bodies = mesh.split(only_watertight=True)
    assert len(bodies) == mesh.body_count == 5
    assert all(body.volume > 0 for body in bodies)
    (left, front, bottom), (right, back, top) = mesh.bounds
    assert max(-left, right) <= width / 2 - made.edge_mm + 1e-4
    assert max(-front, back) <= depth / 2 - made.edge_mm + 1e-4
    assert (bottom, top) == pytest.approx((0, made.outer_mm[2]), abs=1e-6)


@pytest.mark.parametrize("plate", PLATES.values(), ids=PLATES)
@pytest.mark.parametrize("nominal", [0.5, 1.0, 2.0])
def test_each_body_is_a_manifold_without_holes_and_of_the_designed_volume(plate, nominal):
    """manifold3d accepts only an oriented manifold; genus 0 says no tunnel, one piece says no void inside."""
    made = design_coupons(*plate, nominal)
    for coupon, mesh in zip(made.coupons, objects_of_3mf(made).values(), strict=True):
        body = manifold3d.Manifold(
            manifold3d.Mesh(
                vert_properties=np.asarray(mesh.vertices, dtype=np.float32),
                tri_verts=np.asarray(mesh.faces, dtype=np.uint32),
            )
        )
        assert body.status() == manifold3d.Error.NoError
        assert len(body.decompose()) == 1
        assert body.genus() == 0
        assert mesh.volume == pytest.approx(coupon.volume_mm3, rel=1e-12)


def test_the_two_files_hold_the_same_bodies():
    """The 3MF lies half a plate further right and back, for its origin is the plate's front left corner."""
    made = design_coupons(150, 85)
    placed = trimesh.load(BytesIO(to_3mf(made)), file_type="3mf").to_mesh()
    mesh = from_stl(made)
    assert placed.volume == pytest.approx(mesh.volume, rel=1e-6)
    assert placed.bounds == pytest.approx(mesh.bounds + np.array([75.0, 42.5, 0.0]), abs=1e-5)


@pytest.mark.parametrize("plate", PLATES.values(), ids=PLATES)
@pytest.mark.parametrize("nominal", [0.5, 0.77, 1.0, 1.234, 2.0])
def test_the_flat_is_exactly_as_thick_as_nominal(plate, nominal):
    """At every coupon, over 8 x 5.5 mm, a ray through the flat enters and leaves exactly the nominal apart."""
    made = design_coupons(*plate, nominal)
    mesh = from_stl(made)
    for coupon in made.coupons:
        flat = coupon.flat.moved(coupon.x_mm, coupon.y_mm)
        middle, back = (flat.left + flat.right) / 2, flat.back
        hits = rays(mesh, middle + np.linspace(-3.99, 3.98, 9), back - np.linspace(0.03, 5.5, 7))
        assert [low for low, _ in hits] == pytest.approx([0.0] * 63, abs=1e-7)
        assert [high - low for low, high in hits] == pytest.approx([nominal] * 63, abs=2e-7)


def test_nothing_overhangs_nothing_is_hollow_and_nothing_sucks(maps):
    """A vertical ray meets each body never or twice (checked while sampling). Resin leaves sideways at every height."""
    for height in maps:
        around = np.pad(height, 1)
        for level in np.unique(around)[1:]:
            _, pools = label(around < level - 1e-6)
            assert pools == 1


def test_dots_tell_the_five_apart(maps):
    counts = [label(height > height.max() - 0.25)[1] for height in maps]
    assert counts == [1, 2, 3, 4, 5]


def test_without_dots_the_five_are_alike(maps):
    bare = [np.minimum(height, maps[0].max() - 0.5) for height in maps]
    assert all(np.array_equal(bare[0], other) for other in bare)


def differing_area(one, other):
    """Return the area, mm², in which two outlines differ when laid over each other as well as can be."""
    overlap = fftconvolve(one.astype(float), other[::-1, ::-1].astype(float)).max()
    return (one.sum() + other.sum() - 2 * overlap) * STEP**2


def test_a_turned_over_coupon_cannot_be_mistaken(maps):
    """By its outline alone: no way of turning its mirror image makes it fit, and each quarter turn shows."""
    outline = maps[0] > 0
    turned = [np.rot90(outline, quarters) for quarters in range(4)]
    mirrored = [np.rot90(outline[:, ::-1], quarters) for quarters in range(4)]
    assert differing_area(outline, outline) == pytest.approx(0, abs=1e-6)
    assert min(differing_area(outline, other) for other in mirrored) > 8
    assert min(differing_area(one, other) for one, other in combinations(turned, 2)) > 8


def test_the_notch_is_at_the_front_left_and_goes_through(maps):
    for height in maps:
        lip = round(1.5 / STEP) if height.shape[0] == 46 else round(2 / STEP)
        notch = np.flatnonzero(height[lip] > 0)[0] * STEP
        assert notch >= 2.5
        assert np.all(height[lip:, -1] > 0)


def test_the_stl_is_binary_with_unit_outward_normals():
    """80 bytes of header not beginning with ``solid``, a count, 50 bytes for each triangle."""
    content = to_stl(design_coupons(150, 85))
    count = int.from_bytes(content[80:84], "little")
    assert not content.startswith(b"solid")
    assert len(content) == 84 + 50 * count
    rows = np.frombuffer(content[84:], dtype=[("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")])
    normals = np.cross(rows["c"][:, 1] - rows["c"][:, 0], rows["c"][:, 2] - rows["c"][:, 0])
    assert np.allclose(normals / np.linalg.norm(normals, axis=1, keepdims=True), rows["n"], atol=1e-5)
    assert not rows["a"].any()


@pytest.mark.parametrize("write", [to_stl, to_3mf])
def test_equal_sets_give_equal_bytes_and_others_do_not(write):
    assert write(design_coupons(150, 85)) == write(design_coupons(150.0, 85.0, 1))
    assert write(design_coupons(150, 85)) != write(design_coupons(150, 86))
