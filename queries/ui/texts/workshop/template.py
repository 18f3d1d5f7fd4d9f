"""A template as SVG and as PDF, at 1:1."""

from __future__ import annotations

from xml.sax.saxutils import escape

from knockon.queries.workshop.template import Template

POINT = 72 / 25.4
"""Points (the unit of PDF) in a millimetre."""
KAPPA = 0.5522847498
"""Where the control points of a Bezier quarter circle lie: 4/3 (sqrt 2 - 1)."""


def svg(template: Template) -> str:
    """The template as an SVG document whose width and height are stated in mm."""
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{template.width:.3f}mm" height="{template.height:.3f}mm" '
        f'viewBox="0 0 {template.width:.3f} {template.height:.3f}">',
        '<g fill="none" stroke="black" stroke-width="0.25">',
    ]
    for c in template.circles:
        dash = "" if c.cut else ' stroke-dasharray="3 1.5"'
        lines.append(f'<circle cx="{c.x:.3f}" cy="{c.y:.3f}" r="{c.radius:.3f}"{dash}/>')
    lines += [f'<path d="M{n.x1:.3f} {n.y1:.3f}L{n.x2:.3f} {n.y2:.3f}"/>' for n in template.lines]
    lines.append("</g>")
    lines += [
        f'<text x="{t.x:.3f}" y="{t.y:.3f}" font-size="{t.size:.2f}" font-family="sans-serif">{escape(t.words)}</text>'
        for t in template.texts
    ]
    return "\n".join([*lines, "</svg>", ""])


def pdf(template: Template) -> bytes:
    """The template as a PDF of one page, as big as the template, without a date: equal questions give equal bytes."""
    content = _content(template)
    media = f"[0 0 {template.width * POINT:.3f} {template.height * POINT:.3f}]"
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        f"<< /Type /Page /Parent 2 0 R /MediaBox {media} /Contents 4 0 R "
        "/Resources << /Font << /F1 5 0 R >> >> >>".encode("ascii"),
        b"<< /Length %d >>\nstream\n%s\nendstream" % (len(content), content),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
    ]
    out = bytearray(b"%PDF-1.7\n")
    places = []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, start)
    return bytes(out)


def _content(template: Template) -> bytes:
    """The drawing in points, y upwards."""
    height = template.height

    def at(x: float, y: float) -> str:
        return f"{x * POINT:.3f} {(height - y) * POINT:.3f}"

    parts = ["0.7 w"]
    for c in template.circles:
        k = KAPPA * c.radius
        r, x, y = c.radius, c.x, c.y
        parts.append("[] 0 d" if c.cut else "[8 4] 0 d")
        parts.append(
            f"{at(x + r, y)} m {at(x + r, y + k)} {at(x + k, y + r)} {at(x, y + r)} c "
            f"{at(x - k, y + r)} {at(x - r, y + k)} {at(x - r, y)} c "
            f"{at(x - r, y - k)} {at(x - k, y - r)} {at(x, y - r)} c "
            f"{at(x + k, y - r)} {at(x + r, y - k)} {at(x + r, y)} c S"
        )
    parts.append("[] 0 d")
    parts += [f"{at(n.x1, n.y1)} m {at(n.x2, n.y2)} l S" for n in template.lines]
    for t in template.texts:
        words = t.words.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
        parts.append(f"BT /F1 {t.size * POINT:.2f} Tf {at(t.x, t.y)} Td ({words}) Tj ET")
    return "\n".join(parts).encode("cp1252", "replace")
