// Runs the batch program in a folder of its own.
#pragma once

#include "core/base/uid.h"

#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <sys/wait.h>

namespace leeward::testing {

struct Answer {
  int code = -1;
  std::string out, err;
};

class BatchTest : public ::testing::Test {
 protected:
  BatchTest()
      : folder_(std::filesystem::temp_directory_path() / ("leeward_batch_" + Uid::random().str())) {
    std::filesystem::create_directories(folder_);
  }
  ~BatchTest() override { std::filesystem::remove_all(folder_); }

  std::string file(const std::string& name) const { return (folder_ / name).string(); }

  Answer batch(const std::string& words) const {
    return call(std::string(LEEWARD_BATCH) + " " + words);
  }
  Answer call(const std::string& command) const {
    Answer a;
    const std::string errors = file("stderr.txt");
    FILE* pipe = popen((command + " 2>" + errors).c_str(), "r");
    std::array<char, 4096> buffer{};
    while (size_t n = fread(buffer.data(), 1, buffer.size(), pipe)) a.out.append(buffer.data(), n);
    const int status = pclose(pipe);
    a.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    a.err = text_of(errors);
    return a;
  }
  static std::string text_of(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
  }

  std::filesystem::path folder_;
};

}  // namespace leeward::testing
