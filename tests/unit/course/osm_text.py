"""Small OpenStreetMap files written for tests: points in metres about one origin."""

from __future__ import annotations

from rimwise.course.frame import LocalFrame

FRAME = LocalFrame(45.0, -35.0)


def tags_xml(tags):
    return "".join(f'<tag k="{key}" v="{value}"/>' for key, value in tags.items())


class OsmText:
    """Collects elements; ids count up from 1."""

    def __init__(self):
        self.elements = []
        self.count = 0

    def node(self, east, north, **tags):
        self.count += 1
        lat, lon = FRAME.to_geographic(east, north)
        self.elements.append(
            f'<node id="{self.count}" lat="{lat:.9f}" lon="{lon:.9f}">{tags_xml(tags)}</node>'
        )
        return self.count

    def way(self, nodes, **tags):
        self.count += 1
        inner = "".join(f'<nd ref="{node}"/>' for node in nodes)
        self.elements.append(f'<way id="{self.count}">{inner}{tags_xml(tags)}</way>')
        return self.count

    def ring(self, points, **tags):
        nodes = [self.node(*point) for point in points]
        return self.way([*nodes, nodes[0]], **tags)

    def relation(self, members, **tags):
        self.count += 1
        inner = "".join(f'<member type="way" ref="{way}" role="{role}"/>' for way, role in members)
        self.elements.append(f'<relation id="{self.count}">{inner}{tags_xml(tags)}</relation>')
        return self.count

    def hole(self, ref, tee, basket, *, backward=False, tee_tags=None, basket_tags=None, **tags):
        ends = [
            self.node(*tee, disc_golf="tee", **(tee_tags or {})),
            self.node(*basket, disc_golf="basket", **(basket_tags or {})),
        ]
        return self.way(ends[::-1] if backward else ends, disc_golf="hole", ref=ref, **tags)

    def data(self):
        return ('<?xml version="1.0"?>\n<osm version="0.6">\n' + "\n".join(self.elements)
                + "\n</osm>\n").encode()  # fmt: skip
