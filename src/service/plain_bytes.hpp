// Values as bytes, one after the other, little end first, the same on every machine.
#pragma once

#include <bit>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace sondeline {

// Puts values one after the other.
class ByteWriter {
  public:
    void whole(std::uint64_t value) {
        for (int i = 0; i < 8; ++i) bytes.push_back(static_cast<char>(value >> (8 * i)));
    }
    void byte(std::uint8_t value) { bytes.push_back(static_cast<char>(value)); }
    void real(double value) { whole(std::bit_cast<std::uint64_t>(value)); }
    void integer(std::int64_t value) { whole(static_cast<std::uint64_t>(value)); }
    void flag(bool value) { byte(value ? 1 : 0); }
    void text(std::string_view value) {
        whole(value.size());
        bytes += value;
    }
    void maybe(const std::optional<double>& value) {
        flag(value.has_value());
        if (value) real(*value);
    }
    template <class E>
    void word_of(E value) {
        byte(static_cast<std::uint8_t>(value));
    }

    std::string bytes;
};

// Takes values in the same order; after the first that cannot be, `good` is false and every value
// is nought.
class ByteReader {
  public:
    explicit ByteReader(std::string_view bytes) : rest_(bytes) {}

    bool good = true;
    bool at_end() const { return rest_.empty(); }

    std::uint64_t whole() {
        const std::string_view taken = take(8);
        std::uint64_t value = 0;
        for (std::size_t i = taken.size(); i > 0; --i) {
            value = (value << 8U) | static_cast<std::uint8_t>(taken[i - 1]);
        }
        return value;
    }
    std::uint8_t byte() {
        const std::string_view taken = take(1);
        return taken.empty() ? 0 : static_cast<std::uint8_t>(taken.front());
    }
    double real() {
        const auto value = std::bit_cast<double>(whole());
        if (!std::isfinite(value)) good = false;
        return good ? value : 0.0;
    }
    std::int64_t integer() { return static_cast<std::int64_t>(whole()); }
    int small_integer() {
        const std::int64_t value = integer();
        if (value < -2147483647 || value > 2147483647) good = false;
        return good ? static_cast<int>(value) : 0;
    }
    bool flag() {
        const std::uint8_t value = byte();
        if (value > 1) good = false;
        return value == 1;
    }
    std::string text() { return std::string(take(count(1))); }
    std::optional<double> maybe() { return flag() ? std::optional(real()) : std::nullopt; }
    template <class E>
    E word_of(E last) {
        const std::uint8_t value = byte();
        if (value > static_cast<std::uint8_t>(last)) good = false;
        return good ? static_cast<E>(value) : E{};
    }
    // The length of a list whose items take at least `item_bytes`: never more than there are bytes
    // for.
    std::uint64_t count(std::size_t item_bytes) {
        const std::uint64_t value = whole();
        if (value > rest_.size() / item_bytes) good = false;
        return good ? value : 0;
    }

  private:
    std::string_view take(std::size_t size) {
        if (size > rest_.size()) good = false;
        if (!good) return {};
        const std::string_view taken = rest_.substr(0, size);
        rest_.remove_prefix(size);
        return taken;
    }

    std::string_view rest_;
};

}  // namespace sondeline
