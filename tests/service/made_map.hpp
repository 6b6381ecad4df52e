// A processed job made with OGR alone: one layer of lines, one of words.
#pragma once

#include <filesystem>
#include <string>

#include <gtest/gtest.h>
#include <ogrsf_frmts.h>

namespace sondeline {

struct LineStart {
    double x = 0.0;
    double y = 0.0;
};

// Writes <folder>/asbuilt/asbuilt.gpkg with one run from `start` ten units east, in `crs` (empty:
// local coordinates), and so many findings. Gives the folder.
inline std::filesystem::path made_map(const std::filesystem::path& folder, const std::string& crs,
                                      LineStart start, int findings) {
    RegisterOGRGeoPackage();
    std::filesystem::create_directories(folder / "asbuilt");
    const std::filesystem::path file = folder / "asbuilt/asbuilt.gpkg";
    std::filesystem::remove(file);
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
    GDALDatasetUniquePtr map(driver->Create(file.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    OGRSpatialReference srs;
    srs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    if (!crs.empty()) srs.SetFromUserInput(crs.c_str());
    OGRLayer* runs =
        map->CreateLayer("pipe_runs", crs.empty() ? nullptr : &srs, wkbLineStringZM, nullptr);
    OGRFieldDefn id("run_id", OFTString);
    runs->CreateField(&id);
    OGRFeature run(runs->GetLayerDefn());
    run.SetField("run_id", "L1");
    auto line = std::make_unique<OGRLineString>();
    line->addPoint(start.x, start.y, 1.5, 0.0);
    line->addPoint(start.x + 10.0, start.y, 1.25, 10.0);
    run.SetGeometryDirectly(line.release());
    EXPECT_EQ(runs->CreateFeature(&run), OGRERR_NONE);
    OGRLayer* words = map->CreateLayer("findings", nullptr, wkbNone, nullptr);
    OGRFieldDefn what("what", OFTString);
    words->CreateField(&what);
    for (int i = 0; i < findings; ++i) {
        OGRFeature row(words->GetLayerDefn());
        row.SetField("what", "it's \"odd\"; DROP TABLE jobs;--");
        EXPECT_EQ(words->CreateFeature(&row), OGRERR_NONE);
    }
    return folder;
}

}  // namespace sondeline
