// Shared maps as GeoPackages.
#include <thread>

#include <gdal_priv.h>
#include <gmock/gmock.h>
#include <ogrsf_frmts.h>
#include <sys/wait.h>

#include "sondeline/service.hpp"

#include "service/made_map.hpp"
#include "service/own_folder.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::UnorderedElementsAre;

// Processed jobs made with OGR alone: one layer of lines, one of words.
class PublishJob : public OwnFolder {
  protected:
    PublishJob() {
        RegisterOGRGeoPackage();
        map_ = (folder_ / "office.gpkg").string();
    }

    fs::path job(const std::string& name, const std::string& crs, double x, double y,
                 int findings = 1) const {
        return made_map(folder_ / name, crs, {x, y}, findings);
    }

    GDALDatasetUniquePtr open() const {
        return GDALDatasetUniquePtr(
            GDALDataset::Open(map_.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY));
    }

    // The column job of all rows of a layer.
    std::vector<std::string> jobs_in(const char* layer) const {
        const auto map = open();
        std::vector<std::string> jobs;
        OGRLayer* rows = map ? map->GetLayerByName(layer) : nullptr;
        if (rows == nullptr) return jobs;
        while (const OGRFeatureUniquePtr row{rows->GetNextFeature()}) {
            jobs.emplace_back(row->GetFieldAsString("job"));
        }
        return jobs;
    }

    std::string map_;
};

TEST_F(PublishJob, PutsJobsSideBySide) {
    EXPECT_EQ(publish_job(job("oak", "EPSG:32615", 500000, 4560000), map_).error, "");
    const Published elm = publish_job(job("elm", "EPSG:32615", 500100, 4560000, 2), map_);
    EXPECT_EQ(elm.error, "");
    EXPECT_EQ(elm.rows, 3);
    EXPECT_THAT(jobs_in("pipe_runs"), UnorderedElementsAre("oak", "elm"));
    EXPECT_THAT(jobs_in("findings"), UnorderedElementsAre("oak", "elm", "elm"));
    EXPECT_THAT(jobs_in("jobs"), UnorderedElementsAre("oak", "elm"));
}

TEST_F(PublishJob, AgainLeavesTheMapAsItWas) {
    const fs::path oak = job("oak", "EPSG:32615", 500000, 4560000, 3);
    publish_job(job("elm", "EPSG:32615", 500100, 4560000), map_);
    for (int i = 0; i < 3; ++i) EXPECT_EQ(publish_job(oak, map_).error, "");
    EXPECT_EQ(jobs_in("findings").size(), 4U);
    job("oak", "EPSG:32615", 500000, 4560000, 1);
    publish_job(oak, map_);
    EXPECT_THAT(jobs_in("findings"), UnorderedElementsAre("oak", "elm"));
}

// 93° W is the central meridian of UTM zone 15: easting 500000 by definition (NGA.STND.0037).
TEST_F(PublishJob, BringsEveryJobIntoTheCoordinateSystemOfTheMap) {
    publish_job(job("oak", "EPSG:32615", 500000, 4560000), map_);
    publish_job(job("elm", "EPSG:4326", -93.0, 41.0), map_);
    const auto map = open();
    OGRLayer* runs = map->GetLayerByName("pipe_runs");
    EXPECT_STREQ(runs->GetSpatialRef()->GetAuthorityCode(nullptr), "4326");
    while (const OGRFeatureUniquePtr row{runs->GetNextFeature()}) {
        const OGRLineString* line = row->GetGeometryRef()->toLineString();
        EXPECT_NEAR(line->getX(0), -93.0, 1e-9);
        EXPECT_NEAR(line->getY(0), 41.0, 0.5);
        EXPECT_EQ(line->getZ(0), 1.5);
        EXPECT_EQ(line->getM(1), 10.0);
    }
}

TEST_F(PublishJob, KeepsTheRowsOfALocalJobAndSaysThatTheyHaveNoPlace) {
    const Published published = publish_job(job("oak", "", 0, 0), map_);
    EXPECT_EQ(published.error, "");
    ASSERT_EQ(published.findings.size(), 1U);
    EXPECT_THAT(published.findings[0].what, HasSubstr("local coordinates"));
    const auto map = open();
    const OGRFeatureUniquePtr row{map->GetLayerByName("pipe_runs")->GetNextFeature()};
    EXPECT_EQ(row->GetGeometryRef(), nullptr);
    EXPECT_STREQ(row->GetFieldAsString("run_id"), "L1");
}

TEST_F(PublishJob, RefusesAJobOfTheSameNameFromAnotherFolder) {
    publish_job(job("monday/oak", "EPSG:4326", -93, 41), map_);
    const fs::path other = job("tuesday/oak", "EPSG:4326", -93, 41, 2);
    EXPECT_THAT(publish_job(other, map_).error, HasSubstr("monday/oak"));
    EXPECT_EQ(jobs_in("findings").size(), 1U);
    EXPECT_EQ(publish_job(other, map_, {"", true}).error, "");
    EXPECT_EQ(jobs_in("findings").size(), 2U);
}

TEST_F(PublishJob, TakesNamesWithQuotesAsNames) {
    const fs::path odd = job("o'brien; DROP TABLE jobs;--", "EPSG:4326", -93, 41);
    EXPECT_EQ(publish_job(odd, map_).error, "");
    EXPECT_EQ(publish_job(odd, map_).error, "");
    EXPECT_THAT(jobs_in("jobs"), UnorderedElementsAre("o'brien; DROP TABLE jobs;--"));
}

TEST_F(PublishJob, SaysWhatIsWrongAndLeavesNothingBehind) {
    fs::create_directories(folder_ / "bare");
    EXPECT_THAT(publish_job(folder_ / "bare", map_).error, HasSubstr("sondeline process"));
    const fs::path oak = job("oak", "EPSG:4326", -93, 41);
    EXPECT_FALSE(publish_job(oak, (folder_ / "no/such/map.gpkg").string()).error.empty());
    EXPECT_FALSE(publish_job(oak, map_, {"EPSG:nonsense"}).error.empty());
    EXPECT_FALSE(fs::exists(map_));
    EXPECT_FALSE(fs::exists(folder_ / ".office.gpkg.new"));
    put(map_, "this is no map");
    EXPECT_FALSE(publish_job(oak, map_).error.empty());
    EXPECT_EQ(get(map_), "this is no map");
}

TEST_F(PublishJob, ByManyAtOnceLosesNone) {
    std::vector<fs::path> jobs;
    for (int i = 0; i < 6; ++i) {
        jobs.push_back(job("job" + std::to_string(i), "EPSG:4326", -93.0 + i, 41.0));
    }
    std::vector<pid_t> children;
    for (const fs::path& one : jobs) {
        const pid_t child = fork();
        if (child == 0) _exit(publish_job(one, map_).error.empty() ? 0 : 1);
        children.push_back(child);
    }
    for (const pid_t child : children) {
        int how = 0;
        waitpid(child, &how, 0);
        EXPECT_EQ(how, 0);
    }
    EXPECT_EQ(jobs_in("pipe_runs").size(), 6U);
    EXPECT_EQ(jobs_in("jobs").size(), 6U);
}

}  // namespace
}  // namespace sondeline
