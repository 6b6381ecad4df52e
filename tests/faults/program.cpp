#include "faults/program.hpp"

#include <cstdlib>

#include <fcntl.h>
#include <grp.h>
#include <sys/wait.h>
#include <unistd.h>

namespace sondeline {

namespace fs = std::filesystem;

namespace {

const fs::path source_tree(SONDELINE_SOURCE_DIR);

void copy_sample(const fs::path& to) {
    fs::create_directories(to);
    const fs::path clip = to / "clip.avi";
    const std::string command =
        "ffmpeg -v error -y -nostdin -f lavfi -i color=gray:s=64x48:r=10 -t 1 -c:v mjpeg '" +
        clip.string() + "'";
    if (std::system(command.c_str()) != 0) throw std::runtime_error("ffmpeg does not run");
    for (const auto& entry : fs::directory_iterator(source_tree / "sample-runs/walnut-row")) {
        const fs::path copy = to / entry.path().filename();
        if (entry.path().extension() == ".csv") {
            fs::copy_file(entry.path(), copy);
        } else if (entry.is_regular_file()) {
            fs::copy_file(clip, copy);
        }
    }
    fs::remove(clip);
}

void redirect(const fs::path& file, int descriptor) {
    const int opened = open(file.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0666);
    dup2(opened, descriptor);
    close(opened);
}

}  // namespace

JobOfProgram::JobOfProgram() {
    copy_sample(folder_ / "job");
}

pid_t JobOfProgram::start(const std::vector<std::string>& words, const RunHow& how) const {
    const pid_t child = fork();
    if (child != 0) return child;
    redirect(folder_ / ("out-" + std::to_string(getpid())), STDOUT_FILENO);
    redirect(folder_ / ("err-" + std::to_string(getpid())), STDERR_FILENO);
    for (const std::string& setting : how.environment) {
        const std::size_t sign = setting.find('=');
        setenv(setting.substr(0, sign).c_str(), setting.c_str() + sign + 1, 1);
    }
    std::vector<char*> arguments{const_cast<char*>("sondeline")};
    for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
    arguments.push_back(nullptr);
    if (how.before) how.before();
    execv(SONDELINE_PROGRAM, arguments.data());
    _exit(127);
}

Ran JobOfProgram::finish(pid_t child) const {
    int how = 0;
    waitpid(child, &how, 0);
    Ran ran;
    if (WIFEXITED(how)) ran.exit_code = WEXITSTATUS(how);
    if (WIFSIGNALED(how)) ran.signal = WTERMSIG(how);
    for (const auto& [name, text] : {std::pair{"out-", &ran.out}, std::pair{"err-", &ran.err}}) {
        const fs::path file = folder_ / (name + std::to_string(child));
        *text = get(file);
        fs::remove(file);
    }
    return ran;
}

std::map<std::string, std::string> JobOfProgram::files_in(const fs::path& folder) {
    std::map<std::string, std::string> files;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        const std::string name = entry.path().lexically_relative(folder).generic_string();
        files[name] = entry.is_regular_file() ? get(entry.path()) : "";
    }
    return files;
}

std::vector<std::string> JobOfProgram::unfinished_in(const fs::path& folder) {
    std::vector<std::string> names;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        const std::string name = entry.path().filename().string();
        for (const char* mark : {".writing-", ".half-", ".new"}) {
            if (name.find(mark) != std::string::npos) names.push_back(name);
        }
    }
    return names;
}

void become_nobody() {
    constexpr unsigned nobody = 65534;
    if (geteuid() != 0) return;
    if (setgroups(0, nullptr) != 0 || setgid(nobody) != 0 || setuid(nobody) != 0) _exit(126);
}

}  // namespace sondeline
