// A folder of one test's own, gone afterwards.
#pragma once

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <string_view>

#include <gtest/gtest.h>
#include <unistd.h>

namespace sondeline {

class OwnFolder : public testing::Test {
  protected:
    OwnFolder() {
        const auto* test = testing::UnitTest::GetInstance()->current_test_info();
        folder_ = std::filesystem::temp_directory_path() /
                  ("sondeline-" + std::to_string(getpid()) + "-" + test->name());
        std::filesystem::remove_all(folder_);
        std::filesystem::create_directories(folder_);
    }
    ~OwnFolder() override {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }

    static void put(const std::filesystem::path& file, std::string_view bytes) {
        std::ofstream(file, std::ios::binary)
            .write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    }
    static std::string get(const std::filesystem::path& file) {
        std::ostringstream text;
        text << std::ifstream(file, std::ios::binary).rdbuf();
        return text.str();
    }

    std::filesystem::path folder_;
};

}  // namespace sondeline
