#include "faults/mutation.hpp"

#include <algorithm>
#include <array>
#include <random>

#include <fmt/format.h>

namespace sondeline {

namespace {

class Mutator {
  public:
    Mutator(const std::string& bytes, std::uint64_t seed)
        : bytes_(bytes), random_(seed * 0x9E3779B97F4A7C15ULL + 1) {}

    Mutation flip(std::size_t within) {
        // From one bit to hundreds, few as often as many.
        const std::size_t bits = std::size_t{1} << below(10);
        for (std::size_t i = 0; i < bits; ++i) {
            char& byte = bytes_[below(std::min(within, bytes_.size()))];
            byte = static_cast<char>(byte ^ (1 << below(8)));
        }
        return {bytes_, fmt::format("{} bits of the first {} bytes flipped", bits,
                                    std::min(within, bytes_.size()))};
    }

    Mutation cut() {
        bytes_.resize(below(bytes_.size()));
        return {bytes_, fmt::format("cut off at {}", bytes_.size())};
    }

    Mutation flip_and_cut() {
        const std::string flips = flip(bytes_.size()).what;
        const std::string end = bytes_.empty() ? "" : cut().what;
        return {bytes_, flips + ", " + end};
    }

    Mutation overwrite(bool noise) {
        const auto [at, size] = block();
        for (std::size_t i = at; i < at + size; ++i) {
            bytes_[i] = noise ? static_cast<char>(below(256)) : '\0';
        }
        return {bytes_, fmt::format("{} bytes of {} at {}", size, noise ? "noise" : "nought", at)};
    }

    Mutation move_block() {
        const auto [at, size] = block();
        const std::string piece = bytes_.substr(at, size);
        bytes_.erase(at, size);
        const std::size_t to = below(bytes_.size() + 1);
        bytes_.insert(to, piece);
        return {bytes_, fmt::format("{} bytes moved from {} to {}", size, at, to)};
    }

    Mutation extreme_field() {
        constexpr std::array<std::uint32_t, 6> extremes{0,          1,          0x7FFFFFFF,
                                                        0x80000000, 0xFFFFFFFF, 0xFFFFFFF0};
        const std::uint32_t value = extremes[below(extremes.size())];
        // Fields of headers matter most; indexes may stand at the end.
        const std::size_t at = below(2) == 0 ? below(std::min<std::size_t>(bytes_.size(), 1024))
                                             : below(bytes_.size());
        for (std::size_t i = 0; i < 4 && at + i < bytes_.size(); ++i) {
            bytes_[at + i] = static_cast<char>(value >> (8 * i));
        }
        return {bytes_, fmt::format("{:#x} at {}", value, at)};
    }

  private:
    // Not std::uniform_int_distribution, whose values differ from library to library.
    std::size_t below(std::size_t bound) { return bound == 0 ? 0 : random_() % bound; }

    struct Block {
        std::size_t at = 0;
        std::size_t size = 0;
    };
    Block block() {
        const std::size_t size = 1 + below(std::max<std::size_t>(1, bytes_.size() / 8));
        return {below(bytes_.size() - size + 1), size};
    }

    std::string bytes_;
    std::mt19937_64 random_;
};

}  // namespace

Mutation mutated(const std::string& bytes, std::uint64_t seed) {
    if (bytes.empty()) return {bytes, "empty"};
    Mutator mutator(bytes, seed);
    switch (seed % 10) {
        case 0:
        case 1:
        case 2: return mutator.flip(bytes.size());
        case 3: return mutator.flip(2048);
        case 4:
        case 5: return mutator.cut();
        case 6: return mutator.flip_and_cut();
        case 7: return mutator.overwrite(seed % 20 == 7);
        case 8: return mutator.move_block();
        default: return mutator.extreme_field();
    }
}

}  // namespace sondeline
