"""3MF Core Specification, 3MF Consortium, version 1.3 (2021), and Open Packaging Conventions, ECMA-376 part 2.

Rules read in the consortium's own text and schema; the version's year is a value from memory. Read here with lxml and
zipfile, by the rules' own words, and once more by trimesh's reader.
"""

import re
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile

import numpy as np
import pytest
import trimesh
from lxml import etree

from core.coupons import design_coupons, to_3mf

CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
PACKAGE = "{http://schemas.openxmlformats.org/package/2006/"
NUMBER = re.compile(r"[-+]?(\d+(\.\d+)?|\.\d+)([eE][-+]?\d+)?")
"""ST_Number."""
ATTRIBUTES = {
    "model": {"unit", "{http://www.w3.org/XML/1998/namespace}lang"},
    "resources": set(),
    "build": set(),
    "object": {"id", "type", "name"},
    "mesh": set(),
    "vertices": set(),
    "triangles": set(),
    "vertex": {"x", "y", "z"},
    "triangle": {"v1", "v2", "v3"},
    "item": {"objectid", "transform"},
}
CHILDREN = {
    "model": ["resources", "build"],
    "resources": ["object"] * 5,
    "object": ["mesh"],
    "mesh": ["vertices", "triangles"],
    "build": ["item"] * 5,
}
"""Of the schema's elements and their order (appendix B), those that a plain set of meshes needs."""


@pytest.fixture(scope="module", params=[(150, 85, 1.0), (50, 30, 0.5), (218.4, 122.9, 0.77), (400, 400, 2.0)])
def made(request):
    return design_coupons(*request.param)


@pytest.fixture(scope="module")
def archive(made):
    with ZipFile(BytesIO(to_3mf(made))) as opened:
        yield opened


@pytest.fixture(scope="module")
def model(archive):
    parser = etree.XMLParser(resolve_entities=False, no_network=True)
    return etree.fromstring(archive.read("3D/3dmodel.model"), parser)


def test_the_package_is_a_sound_zip_of_the_required_parts(archive):
    """ECMA-376-2: items stored or deflated, none encrypted, the content types first of all."""
    assert archive.testzip() is None
    assert archive.namelist() == ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]
    for entry in archive.infolist():
        assert entry.compress_type in {ZIP_STORED, ZIP_DEFLATED}
        assert entry.flag_bits & 0x1 == 0
        assert entry.date_time == (1980, 1, 1, 0, 0, 0)


def test_every_part_has_its_content_type(archive):
    """Appendix C.3."""
    types = etree.fromstring(archive.read("[Content_Types].xml"))
    assert types.tag == f"{PACKAGE}content-types}}Types"
    assert {(each.get("Extension"), each.get("ContentType")) for each in types} == {
        ("rels", "application/vnd.openxmlformats-package.relationships+xml"),
        ("model", "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"),
    }
    assert {each.tag for each in types} == {f"{PACKAGE}content-types}}Default"}


def test_the_package_names_its_model_as_the_start(archive):
    """Section 2.1 and appendix C.2: one relationship of the start part's type, with an absolute target."""
    (relation,) = etree.fromstring(archive.read("_rels/.rels"))
    assert relation.tag == f"{PACKAGE}relationships}}Relationship"
    assert relation.get("Type") == "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
    assert relation.get("Target") == "/3D/3dmodel.model"
    assert relation.get("Id")


def test_the_markup_is_utf_8_without_a_dtd_and_of_the_schemas_elements(archive, model):
    """Section 2.3.2 (XML usage) and appendix B: known elements, in the schema's order, with known attributes only."""
    text = archive.read("3D/3dmodel.model").decode("utf-8")
    assert text.startswith('<?xml version="1.0" encoding="UTF-8"?>')
    assert "<!DOCTYPE" not in text
    assert "xml:space" not in text
    for element in model.iter():
        name = element.tag.removeprefix(CORE)
        assert set(element.attrib) <= ATTRIBUTES[name]
        if name in CHILDREN:
            assert [child.tag.removeprefix(CORE) for child in element] == CHILDREN[name]
    assert model.get("unit") == "millimeter"


def test_meshes_refer_to_points_that_exist_and_numbers_are_decimals(model):
    """Section 4.1: at least 3 vertices, 4 triangles for a solid, indices in range and different within a triangle."""
    for mesh in model.iter(f"{CORE}mesh"):
        points, triangles = mesh
        assert len(triangles) >= 4
        assert all(NUMBER.fullmatch(point.get(axis)) for point in points for axis in "xyz")
        corners = np.array([[int(triangle.get(f"v{n}")) for n in (1, 2, 3)] for triangle in triangles])
        assert corners.min() == 0
        assert corners.max() == len(points) - 1
        assert all(len(set(triangle)) == 3 for triangle in corners.tolist())


def test_every_edge_is_walked_once_each_way(model):
    """Section 4.1.1 asks for a manifold mesh of consistent winding, normals outward (fill of positive volume)."""
    for mesh in model.iter(f"{CORE}mesh"):
        points = np.array([[float(point.get(axis)) for axis in "xyz"] for point in mesh[0]])
        corners = [[int(triangle.get(f"v{n}")) for n in (1, 2, 3)] for triangle in mesh[1]]
        edges = [(one[n], one[(n + 1) % 3]) for one in corners for n in range(3)]
        assert len(set(edges)) == len(edges)
        assert {(b, a) for a, b in edges} == set(edges)
        a, b, c = (points[[one[n] for one in corners]] for n in range(3))
        assert np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6 > 0


def test_items_place_every_object_once_in_the_positive_octant(model, made):
    """Section 3.1: the origin is the front left corner of the plate. Section 3.3: positive volume, positive octant."""
    ids = [each.get("id") for each in model.iter(f"{CORE}object")]
    items = list(model.iter(f"{CORE}item"))
    assert len(set(ids)) == 5
    assert sorted(item.get("objectid") for item in items) == sorted(ids)
    for item in items:
        numbers = item.get("transform").split(" ")
        assert len(numbers) == 12
        assert all(NUMBER.fullmatch(number) for number in numbers)
        assert np.linalg.det(np.array(numbers[:9], dtype=float).reshape(3, 3)) == pytest.approx(1)
    scene = trimesh.load(BytesIO(to_3mf(made)), file_type="3mf")
    assert scene.units == "millimeter"
    edge = made.edge_mm
    far = (made.plate_width_mm - edge, made.plate_depth_mm - edge, made.outer_mm[2])
    assert scene.bounds == pytest.approx(np.array([(edge, edge, 0), far]), abs=1e-5)


def test_objects_are_named_for_where_they_lie(made):
    """Front is the least y and left the least x (section 3.2)."""
    scene = trimesh.load(BytesIO(to_3mf(made)), file_type="3mf")
    middle = np.array([made.plate_width_mm, made.plate_depth_mm]) / 2
    for name in scene.graph.nodes_geometry:
        transform, geometry = scene.graph[name]
        x, y = (scene.geometry[geometry].bounds.mean(axis=0) + transform[:3, 3])[:2] - middle
        along = "" if abs(y) < 0.01 else "front_" if y < 0 else "back_"
        across = "centre" if abs(x) < 0.01 else "left" if x < 0 else "right"
        assert geometry == along + across
