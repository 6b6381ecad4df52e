#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::Not;
using testing::SizeIs;

constexpr const char* kRuns = "id,footage,status\nL1,,not entered\n";

// 40 N 92.5 W in UTM zone 15 on NAD83 (EPSG:26915), as PROJ 9.1.1 and GeographicLib 2.1.2 both give
// it to the millimetre.
constexpr double kEast = 542679.945;
constexpr double kNorth = 4427876.924;

// Writes one point into a file of its own coordinate system ("" for none).
void write_point(const JobOnDisk& job, const char* driver, const std::string& name,
                 const std::string& crs, OGRPoint point) {
    RegisterOGRShape();
    RegisterOGRGeoPackage();
    const GDALDatasetUniquePtr dataset(GetGDALDriverManager()->GetDriverByName(driver)->Create(
        (job.path() / name).c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    ASSERT_TRUE(dataset);
    OGRSpatialReference reference;
    if (!crs.empty()) reference.SetFromUserInput(crs.c_str());
    reference.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    OGRLayer* layer = dataset->CreateLayer("fixes", crs.empty() ? nullptr : &reference,
                                           point.Is3D() ? wkbPoint25D : wkbPoint, nullptr);
    ASSERT_NE(layer, nullptr);
    OGRFieldDefn run("run", OFTString);
    OGRFieldDefn depth("depth_m", OFTReal);
    OGRFieldDefn accuracy("h_accuracy", OFTReal);
    layer->CreateField(&run);
    layer->CreateField(&depth);
    layer->CreateField(&accuracy);
    OGRFeature feature(layer->GetLayerDefn());
    feature.SetField(0, "L1");
    feature.SetField(1, 0.76);
    feature.SetField(2, 0.02);
    feature.SetGeometry(&point);
    ASSERT_EQ(layer->CreateFeature(&feature), OGRERR_NONE);
}

TEST(Points, OfAGpxFileAreWaypoints) {
    JobOnDisk job;
    job.file("runs.csv", kRuns);
    job.file("structures.gpx",
             "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"t\" "
             "xmlns=\"http://www.topografix.com/GPX/1/1\">"
             "<wpt lat=\"40.0\" lon=\"-92.5\"><ele>250.25</ele><name>T1</name><sym>Flag</sym></wpt>"
             "<wpt lat=\"40.0001\" lon=\"-92.5\"><name>D1</name></wpt></gpx>");
    const Job read = job.read();
    ASSERT_THAT(read.structures, SizeIs(2));
    EXPECT_EQ(read.structures[0].id.text, "T1");
    ASSERT_TRUE(read.structures[0].position);
    EXPECT_TRUE(read.structures[0].position->geographic);
    EXPECT_DOUBLE_EQ(read.structures[0].position->x, -92.5);
    EXPECT_DOUBLE_EQ(read.structures[0].position->y, 40.0);
    EXPECT_DOUBLE_EQ(read.structures[0].ground_m->value, 250.25);
    EXPECT_EQ(read.structures[0].attributes.at("sym"), "Flag");
    EXPECT_FALSE(read.structures[1].ground_m);
    EXPECT_EQ(read.structures[1].source.row, 2);
    EXPECT_THAT(read.findings, Contains(Finds("structures.gpx", "ground elevations in metres")));
}

TEST(Points, OfAReceiverJoinASheetOfDepthsByTheirIds) {
    JobOnDisk job;
    job.file("runs.csv", kRuns);
    job.file("fixes.csv", "id,run,counter,depth (in)\nF1,L1,10,30\nF2,L1,20,31\n");
    job.file("fixes.gpx",
             "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"t\" "
             "xmlns=\"http://www.topografix.com/GPX/1/1\">"
             "<wpt lat=\"40.0\" lon=\"-92.5\"><name>F2</name></wpt></gpx>");
    const Job read = job.read();
    ASSERT_THAT(read.fixes, SizeIs(2));
    EXPECT_FALSE(read.fixes[0].position);
    ASSERT_TRUE(read.fixes[1].position);
    EXPECT_EQ(read.fixes[1].position->source.file, "fixes.gpx");
    EXPECT_EQ(read.fixes[1].depth_m->source.file, "fixes.csv");
    EXPECT_THAT(read.findings, Contains(Finds("fixes.gpx", "this one to fixes.csv row 3")));
}

// GPX 1.1 schema: fix and hdop of a waypoint.
TEST(Points, OfAHandheldReceiverAreNotTakenForASurvey) {
    JobOnDisk job;
    job.file("runs.csv", kRuns);
    job.file("structures.gpx",
             "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"t\" "
             "xmlns=\"http://www.topografix.com/GPX/1/1\">"
             "<wpt lat=\"40.0\" lon=\"-92.5\"><name>T1</name><fix>3d</fix><hdop>1.2</hdop></wpt>"
             "<wpt lat=\"40.0001\" lon=\"-92.5\"><name>D1</name></wpt></gpx>");
    const Job read = job.read();
    ASSERT_THAT(read.structures, SizeIs(2));
    ASSERT_TRUE(read.structures[0].h_accuracy_m);
    EXPECT_GT(read.structures[0].h_accuracy_m->value, 3.0);
    EXPECT_FALSE(read.structures[1].h_accuracy_m);
    EXPECT_THAT(read.findings, Contains(Finds("structures.gpx", "what the receiver says")));
}

// RFC 7946 sections 3.1.1 and 4: longitude before latitude, WGS 84.
TEST(Points, OfGeoJsonAreLongitudeAndLatitude) {
    JobOnDisk job;
    job.file("runs.csv", kRuns);
    job.file("fixes.geojson",
             R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":
             {"run":"L1","depth":"2' 6\"","heading":40},"geometry":{"type":"Point",
             "coordinates":[-92.5,40.0]}},{"type":"Feature","properties":{"run":"L1"},"geometry":
             {"type":"LineString","coordinates":[[0,0],[1,1]]}}]})");
    const Job read = job.read();
    ASSERT_THAT(read.fixes, SizeIs(2));
    EXPECT_DOUBLE_EQ(read.fixes[0].position->x, -92.5);
    EXPECT_NEAR(read.fixes[0].depth_m->value, 0.762, 1e-12);
    EXPECT_FALSE(read.fixes[1].position);
    EXPECT_THAT(read.findings, Contains(Finds("fixes.geojson row 2", "LINESTRING, not a point")));
}

TEST(Points, InTheMapsOwnSystemStayAsTheyAre) {
    JobOnDisk job;
    job.file("runs.csv", kRuns).file("job.csv", "key,value\ncrs,EPSG:26915\n");
    write_point(job, "GPKG", "fixes.gpkg", "EPSG:26915", OGRPoint(kEast, kNorth));
    const Job read = job.read();
    ASSERT_THAT(read.fixes, SizeIs(1));
    ASSERT_TRUE(read.fixes[0].position) << text_of(read.findings);
    EXPECT_FALSE(read.fixes[0].position->geographic);
    EXPECT_NEAR(read.fixes[0].position->x, kEast, 1e-6);
    EXPECT_NEAR(read.fixes[0].position->y, kNorth, 1e-5);
    EXPECT_NEAR(read.fixes[0].depth_m->value, 0.76, 1e-12);
}

TEST(Points, InAnotherSystemBecomeLongitudeAndLatitude) {
    JobOnDisk job;
    job.file("runs.csv", kRuns);
    write_point(job, "ESRI Shapefile", "fixes.shp", "EPSG:26915", OGRPoint(kEast, kNorth));
    const Job read = job.read();
    ASSERT_THAT(read.fixes, SizeIs(1));
    ASSERT_TRUE(read.fixes[0].position) << text_of(read.findings);
    EXPECT_TRUE(read.fixes[0].position->geographic);
    EXPECT_NEAR(read.fixes[0].position->x, -92.5, 2e-8);
    EXPECT_NEAR(read.fixes[0].position->y, 40.0, 2e-8);
    EXPECT_NEAR(read.fixes[0].h_accuracy_m->value, 0.02, 1e-12);
}

TEST(Points, WithoutASystemAreTakenForTheMapsWithACaution) {
    JobOnDisk job;
    job.file("runs.csv", kRuns).file("job.csv", "key,value\ncrs,EPSG:26915\n");
    write_point(job, "ESRI Shapefile", "fixes.shp", "", OGRPoint(kEast, kNorth));
    const Job read = job.read();
    ASSERT_THAT(read.fixes, SizeIs(1));
    EXPECT_NEAR(read.fixes[0].position->x, kEast, 1e-6);
    EXPECT_THAT(read.findings, Contains(Finds("fixes.shp", "does not say its coordinate system")));
}

TEST(Points, GiveTheirHeightAsGroundUnlessItIsNoughtThroughout) {
    JobOnDisk high;
    high.file("runs.csv", kRuns);
    write_point(high, "GPKG", "fixes.gpkg", "EPSG:4326", OGRPoint(-92.5, 40.0, 251.5));
    EXPECT_NEAR(high.read().fixes.at(0).ground_m->value, 251.5, 1e-9);
    JobOnDisk flat;
    flat.file("runs.csv", kRuns);
    write_point(flat, "GPKG", "fixes.gpkg", "EPSG:4326", OGRPoint(-92.5, 40.0, 0.0));
    const Job read = flat.read();
    EXPECT_FALSE(read.fixes.at(0).ground_m);
    EXPECT_THAT(read.findings, Not(Contains(Finds("fixes.gpkg", "heights"))));
}

TEST(Points, UnderTheNameOfAnotherTableAreNotRead) {
    JobOnDisk job;
    job.file("levels.geojson", R"({"type":"FeatureCollection","features":[]})");
    EXPECT_THAT(job.read().findings, Contains(Finds("levels.geojson", "not read from points")));
}

// An entity that doubles thirty times over, as in the expansion attack of CWE-776.
TEST(Points, OfAnExpandingXmlFileAreRefused) {
    std::string xml = "<?xml version=\"1.0\"?><!DOCTYPE gpx [<!ENTITY a0 \"aaaaaaaaaa\">";
    for (int i = 1; i <= 30; ++i) {
        const std::string before = "&a" + std::to_string(i - 1) + ";";
        xml += "<!ENTITY a" + std::to_string(i) + " \"" + before + before + "\">";
    }
    xml +=
        "]><gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\">"
        "<wpt lat=\"1\" lon=\"1\"><name>&a30;</name></wpt></gpx>";
    JobOnDisk job;
    job.file("fixes.gpx", xml);
    const Job read = job.read();
    for (const Fix& fix : read.fixes) EXPECT_LT(fix.id.size(), 100'000U);
    EXPECT_FALSE(read.findings.empty());
}

}  // namespace
}  // namespace sondeline
