// Shared maps in PostGIS. Needs a database of its own, named by SONDELINE_POSTGIS as GDAL takes it
// ("PG:host=… port=… dbname=…"); tests/service/postgis starts one.
#include <atomic>
#include <chrono>
#include <random>
#include <regex>
#include <set>
#include <thread>

#include <gdal_priv.h>
#include <gmock/gmock.h>
#include <sys/wait.h>

#include "sondeline/service.hpp"

#include "service/made_map.hpp"
#include "service/own_folder.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::Not;

const std::string& database() {
    static const std::string name = [] {
        const char* value = std::getenv("SONDELINE_POSTGIS");
        return std::string(value == nullptr ? "" : value);
    }();
    return name;
}

// Rows of what a statement gives, each cell as text.
class Connection {
  public:
    Connection() {
        RegisterOGRPG();
        map_.reset(GDALDataset::Open(database().c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE));
        if (!map_) throw std::runtime_error("no database at SONDELINE_POSTGIS");
    }

    std::vector<std::string> rows(const std::string& statement) {
        std::vector<std::string> rows;
        OGRLayer* result = map_->ExecuteSQL(statement.c_str(), nullptr, nullptr);
        if (result == nullptr) return rows;
        while (const OGRFeatureUniquePtr row{result->GetNextFeature()}) {
            std::string text;
            for (int i = 0; i < row->GetFieldCount(); ++i) {
                text += (i > 0 ? "|" : "") + std::string(row->GetFieldAsString(i));
            }
            rows.push_back(std::move(text));
        }
        map_->ReleaseResultSet(result);
        return rows;
    }

    std::string value(const std::string& statement) {
        const auto all = rows(statement);
        return all.empty() ? "" : all.front();
    }

  private:
    GDALDatasetUniquePtr map_;
};

class PostGis : public OwnFolder {
  protected:
    void SetUp() override {
        ASSERT_FALSE(database().empty()) << "run tests/service/postgis";
        for (const char* table : {"pipe_runs", "findings", "jobs"}) {
            Connection().rows(std::string("DROP TABLE IF EXISTS ") + table);
        }
    }

    fs::path job(const std::string& name, const std::string& crs, LineStart start,
                 int findings = 1) const {
        return made_map(folder_ / name, crs, start, findings);
    }

    static std::string count(const std::string& table, const std::string& job) {
        return Connection().value("SELECT count(*) FROM " + table + " WHERE job = '" + job + "'");
    }
};

TEST_F(PostGis, HoldsJobsSideBySideAndTheSameAgain) {
    const fs::path oak = job("oak", "EPSG:32615", {500000, 4560000}, 3);
    EXPECT_EQ(publish_job(oak, database()).error, "");
    EXPECT_EQ(publish_job(job("elm", "EPSG:32615", {500100, 4560000}, 2), database()).error, "");
    const std::string all =
        "SELECT job, run_id, ST_AsEWKT(geom) FROM pipe_runs ORDER BY job, run_id";
    const auto before = Connection().rows(all);
    EXPECT_EQ(before.size(), 2U);
    for (int i = 0; i < 3; ++i) EXPECT_EQ(publish_job(oak, database()).error, "");
    EXPECT_EQ(Connection().rows(all), before);
    EXPECT_EQ(count("findings", "oak"), "3");
    EXPECT_EQ(count("findings", "elm"), "2");
    EXPECT_EQ(Connection().rows("SELECT job FROM jobs").size(), 2U);
}

// 93° W is the central meridian of UTM zone 15: easting 500000 by definition (NGA.STND.0037). The
// peer for the rest of the way is PostGIS's own ST_Transform.
TEST_F(PostGis, BringsEveryJobIntoTheCoordinateSystemOfTheMap) {
    EXPECT_EQ(
        publish_job(job("oak", "EPSG:32615", {500000, 4560000}), database(), {"EPSG:32615"}).error,
        "");
    EXPECT_EQ(publish_job(job("elm", "EPSG:4326", {-93, 41}), database()).error, "");
    Connection connection;
    EXPECT_EQ(connection.rows("SELECT DISTINCT ST_SRID(geom) FROM pipe_runs"),
              std::vector<std::string>{"32615"});
    EXPECT_EQ(connection.value("SELECT round(ST_X(ST_StartPoint(geom))::numeric, 4) FROM pipe_runs "
                               "WHERE job = 'elm'"),
              "500000");
    EXPECT_EQ(
        connection.value("SELECT ST_Distance(ST_Force2D(ST_StartPoint(geom)), ST_Transform("
                         "ST_SetSRID(ST_MakePoint(-93, 41), 4326), 32615)) < 0.001 FROM pipe_runs "
                         "WHERE job = 'elm'"),
        "1");
    EXPECT_EQ(connection.value("SELECT ST_Z(ST_StartPoint(geom)) || ' ' || ST_M(ST_EndPoint(geom)) "
                               "FROM pipe_runs WHERE job = 'elm'"),
              "1.5 10");
}

TEST_F(PostGis, KeepsTheRowsOfALocalJobWithoutAPlace) {
    const Published published = publish_job(job("oak", "", {0, 0}), database());
    EXPECT_EQ(published.error, "");
    EXPECT_EQ(published.findings.size(), 1U);
    EXPECT_EQ(Connection().value("SELECT count(*) FROM pipe_runs WHERE geom IS NULL"), "1");
}

TEST_F(PostGis, TakesNamesWithQuotesAsNames) {
    const std::string name = "o'brien; DROP TABLE jobs;--";
    const fs::path odd = job(name, "EPSG:4326", {-93, 41});
    for (int i = 0; i < 2; ++i) EXPECT_EQ(publish_job(odd, database()).error, "");
    EXPECT_EQ(Connection().rows("SELECT job FROM jobs"), std::vector<std::string>{name});
}

TEST_F(PostGis, RefusesAJobOfTheSameNameFromAnotherFolder) {
    publish_job(job("monday/oak", "EPSG:4326", {-93, 41}), database());
    const fs::path other = job("tuesday/oak", "EPSG:4326", {-93, 41}, 2);
    EXPECT_THAT(publish_job(other, database()).error, HasSubstr("monday/oak"));
    EXPECT_EQ(count("findings", "oak"), "1");
    EXPECT_EQ(publish_job(other, database(), {"", true}).error, "");
    EXPECT_EQ(count("findings", "oak"), "2");
}

TEST_F(PostGis, ThatIsNotThereIsSaidWithoutThePassword) {
    const fs::path oak = job("oak", "EPSG:4326", {-93, 41});
    const std::string error =
        publish_job(oak, "PG:host=127.0.0.1 port=1 dbname=maps user=u password=secret").error;
    EXPECT_THAT(error, HasSubstr("could not be opened"));
    EXPECT_THAT(error, Not(HasSubstr("secret")));
}

TEST_F(PostGis, IsAskedForWhereADatabaseHasNone) {
    Connection().rows("DROP DATABASE IF EXISTS bare");
    Connection().rows("CREATE DATABASE bare");
    const std::string bare =
        std::regex_replace(database(), std::regex("dbname=[^ ]*"), "dbname=bare");
    EXPECT_THAT(publish_job(job("oak", "EPSG:4326", {-93, 41}), bare).error,
                HasSubstr("CREATE EXTENSION postgis"));
}

// A reader that asks over and over, in one statement, sees the job before or the job after.
TEST_F(PostGis, NeverShowsHalfAJob) {
    const fs::path oak = job("oak", "EPSG:4326", {-93, 41}, 2);
    ASSERT_EQ(publish_job(oak, database()).error, "");
    std::atomic<bool> over{false};
    std::set<std::string> seen;
    int looks = 0;
    std::thread reader([&] {
        Connection connection;
        while (!over) {
            seen.insert(
                connection.value("SELECT (SELECT count(*) FROM pipe_runs WHERE job = 'oak') "
                                 "|| ' ' || (SELECT count(*) FROM findings "
                                 "WHERE job = 'oak')"));
            ++looks;
        }
    });
    for (int i = 0; i < 20; ++i) {
        job("oak", "EPSG:4326", {-93, 41}, i % 2 == 0 ? 40 : 2);
        EXPECT_EQ(publish_job(oak, database()).error, "");
    }
    over = true;
    reader.join();
    EXPECT_GT(looks, 20);
    EXPECT_EQ(seen, (std::set<std::string>{"1 2", "1 40"}));
}

// The first of them makes the tables.
TEST_F(PostGis, TakesManyPublishersAtOnce) {
    std::vector<fs::path> jobs;
    for (int i = 0; i < 6; ++i) {
        jobs.push_back(job("job" + std::to_string(i), "EPSG:4326", {-93.0 + i, 41.0}, 5));
    }
    for (int round = 0; round < 3; ++round) {
        std::vector<pid_t> children;
        for (const fs::path& one : jobs) {
            const pid_t child = fork();
            if (child == 0) {
                const std::string error = publish_job(one, database()).error;
                if (!error.empty()) std::fprintf(stderr, "%s\n", error.c_str());
                _exit(error.empty() ? 0 : 1);
            }
            children.push_back(child);
        }
        for (const pid_t child : children) {
            int how = 0;
            waitpid(child, &how, 0);
            EXPECT_EQ(how, 0);
        }
    }
    Connection connection;
    EXPECT_EQ(connection.value("SELECT count(*) FROM pipe_runs"), "6");
    EXPECT_EQ(connection.value("SELECT count(*) FROM findings"), "30");
    EXPECT_EQ(connection.value("SELECT count(*) FROM jobs"), "6");
}

TEST_F(PostGis, HoldsTheOldJobOrTheNewWhenThePublisherIsKilled) {
    const fs::path oak = job("oak", "EPSG:4326", {-93, 41}, 2);
    ASSERT_EQ(publish_job(oak, database()).error, "");
    std::mt19937 random(7);
    int killed = 0;
    for (int i = 0; i < 20; ++i) {
        job("oak", "EPSG:4326", {-93, 41}, i % 2 == 0 ? 200 : 2);
        const pid_t child = fork();
        if (child == 0) _exit(publish_job(oak, database()).error.empty() ? 0 : 1);
        std::this_thread::sleep_for(std::chrono::milliseconds(random() % 150));
        kill(child, SIGKILL);
        int how = 0;
        waitpid(child, &how, 0);
        killed += WIFSIGNALED(how) ? 1 : 0;
        const std::string findings = count("findings", "oak");
        EXPECT_TRUE(findings == "2" || findings == "200") << findings;
        EXPECT_EQ(count("pipe_runs", "oak"), "1");
    }
    EXPECT_GT(killed, 5);
    job("oak", "EPSG:4326", {-93, 41}, 2);
    EXPECT_EQ(publish_job(oak, database()).error, "");
    EXPECT_EQ(count("findings", "oak"), "2");
}

}  // namespace
}  // namespace sondeline
