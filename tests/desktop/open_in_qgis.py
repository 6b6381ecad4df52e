"""Loads every layer of asbuilt.gpkg into QGIS as a user would, with the styles the file brings,
renders the map, and fails when anything is not as the file says. Peers: QGIS (Debian python3-qgis)
for reading and drawing, the sqlite3 module for what the file holds."""
import sqlite3
import sys

from qgis.core import (QgsApplication, QgsCoordinateReferenceSystem, QgsMapRendererParallelJob,
                       QgsMapSettings, QgsPalLayerSettings, QgsRectangle, QgsVectorLayer, QgsWkbTypes)
from qgis.PyQt.QtCore import QSize
from qgis.PyQt.QtGui import QColor

failures = []


def expect(holds, words):
    if not holds:
        failures.append(words)
        print("FAILED:", words)


def layers_of(db):
    return db.execute("SELECT table_name, data_type, srs_id FROM gpkg_contents ORDER BY rowid").fetchall()


def checked_layer(path, db, name, kind, srs_id):
    layer = QgsVectorLayer(f"{path}|layername={name}", name, "ogr")
    expect(layer.isValid(), f"{name} is not valid")
    rows = db.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]
    expect(layer.featureCount() == rows, f"{name}: {layer.featureCount()} features for {rows} rows")
    expect(sum(1 for _ in layer.getFeatures()) == rows, f"{name}: not every row can be read")
    if kind != "features":
        return layer, False
    expect(layer.crs() == QgsCoordinateReferenceSystem(f"EPSG:{srs_id}"), f"{name}: {layer.crs().authid()}")
    expect(QgsWkbTypes.hasZ(layer.wkbType()), f"{name} has no z")
    has_m = db.execute("SELECT m FROM gpkg_geometry_columns WHERE table_name = ?", (name,)).fetchone()[0]
    expect(QgsWkbTypes.hasM(layer.wkbType()) == (has_m == 1), f"{name}: m")
    words, loaded = layer.loadDefaultStyle()
    expect(loaded, f"{name}: no style of the file was used ({words})")
    qml = db.execute("SELECT styleQML FROM layer_styles WHERE f_table_name = ?", (name,)).fetchone()[0]
    colour = layer.renderer().symbol().color()
    expect(f'"{colour.red()},{colour.green()},{colour.blue()},255"' in qml,
           f"{name} is drawn in {colour.name()}, which its style does not name")
    expect(layer.labelsEnabled() == ('labelsEnabled="1"' in qml), f"{name}: labels")
    if layer.labelsEnabled():
        settings = QgsPalLayerSettings(layer.labeling().settings())
        expect(settings.isExpression and not settings.getLabelExpression().hasParserError(),
               f"{name}: the label {settings.fieldName} is no expression")
    return layer, True


def rendered(layers, picture):
    extent = QgsRectangle()
    for layer in layers:
        extent.combineExtentWith(layer.extent())
    extent.scale(1.25)
    settings = QgsMapSettings()
    settings.setLayers(layers)
    settings.setDestinationCrs(layers[0].crs())
    settings.setBackgroundColor(QColor("white"))
    settings.setOutputSize(QSize(1400, 1400))
    settings.setOutputDpi(144)
    settings.setExtent(extent)
    job = QgsMapRendererParallelJob(settings)
    job.start()
    job.waitForFinished()
    expect(not job.errors(), f"rendering: {[error.message for error in job.errors()]}")
    image = job.renderedImage()
    image.save(picture)
    return settings, image


def near(image, x, y, colour, reach=4):
    for dx in range(-reach, reach + 1):
        for dy in range(-reach, reach + 1):
            seen = QColor(image.pixel(int(x) + dx, int(y) + dy))
            if max(abs(seen.red() - colour.red()), abs(seen.green() - colour.green()),
                   abs(seen.blue() - colour.blue())) < 40:
                return True
    return False


def main(path, picture):
    db = sqlite3.connect(path)
    spatial = []
    for name, kind, srs_id in layers_of(db):
        layer, drawn = checked_layer(path, db, name, kind, srs_id)
        print(f"{name}: {layer.featureCount()} rows, {QgsWkbTypes.displayString(layer.wkbType())}")
        if drawn:
            spatial.append(layer)
    # Points above lines, as a user's layer tree has them.
    spatial.sort(key=lambda layer: (layer.geometryType(), layer.name() == "stations"))
    settings, image = rendered(spatial, picture)
    to_pixels = settings.mapToPixel()
    for layer in spatial:
        if layer.name() not in ("pipe_runs", "structures", "fixes"):
            continue
        colour = layer.renderer().symbol().color()
        seen = 0
        for feature in layer.getFeatures():
            geometry = feature.geometry()
            if geometry.isNull():
                continue
            # A point of a line that no mark covers.
            point = (geometry.interpolate(geometry.length() * 0.37).asPoint()
                     if layer.geometryType() == QgsWkbTypes.LineGeometry else geometry.asPoint())
            at = to_pixels.transform(point.x(), point.y())
            seen += near(image, at.x(), at.y(), colour, 8)
        print(f"{layer.name()}: {seen} of {layer.featureCount()} seen in {colour.name()}")
        expect(seen >= 0.8 * layer.featureCount(), f"{layer.name()}: only {seen} seen on the picture")
    print("picture:", picture)


application = QgsApplication([], False)
application.initQgis()
main(sys.argv[1], sys.argv[2])
application.exitQgis()
print("all as the file says" if not failures else f"{len(failures)} failed")
sys.exit(1 if failures else 0)
