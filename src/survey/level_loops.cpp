#include "survey/level_loops.hpp"

#include <algorithm>
#include <deque>

namespace sondeline {

namespace {

// The book as a graph: the datum (0), then points, then setups. An edge says that `to` is higher
// than `from` by `rise_m`: a setup above a point by the reading, a benchmark above the datum.
struct Edge {
    int from = 0;
    int to = 0;
    double rise_m = 0.0;
    bool benchmark = false;
    bool back = false;  // a backsight
};

class Loops {
  public:
    explicit Loops(const LevelBook& book) : book_(book) {
        for (const LevelBenchmark& mark : book.benchmarks) {
            edges_.push_back({0, point(mark.point), mark.elevation_m, true, false});
        }
        const int first_setup = 1 + static_cast<int>(book.points.size());
        for (const LevelSight& sight : book.sights) {
            edges_.push_back({point(sight.point), first_setup + sight.setup, sight.reading_m, false,
                              sight.back});
        }
        const std::size_t vertices = 1 + book.points.size() + book.setups.size();
        parent_edge_.assign(vertices, -1);
        height_m_.assign(vertices, 0.0);
        depth_.assign(vertices, -1);
        grow_tree();
    }

    std::vector<LevelLoop> find() const {
        std::vector<LevelLoop> loops;
        for (int e = 0; e < static_cast<int>(edges_.size()); ++e) {
            const Edge& edge = edges_[at(e)];
            if (depth_[at(edge.from)] < 0) continue;
            if (parent_edge_[at(edge.to)] == e || parent_edge_[at(edge.from)] == e) continue;
            loops.push_back(closed_by(edge));
        }
        return loops;
    }

  private:
    static std::size_t at(int index) { return static_cast<std::size_t>(index); }
    static int point(int index) { return 1 + index; }
    bool is_point(int vertex) const {
        return vertex > 0 && vertex <= static_cast<int>(book_.points.size());
    }

    void grow_tree() {
        std::deque<int> waiting{0};
        depth_[0] = 0;
        while (!waiting.empty()) {
            const int here = waiting.front();
            waiting.pop_front();
            for (int e = 0; e < static_cast<int>(edges_.size()); ++e) {
                const Edge& edge = edges_[at(e)];
                if (edge.from != here && edge.to != here) continue;
                const int there = edge.from == here ? edge.to : edge.from;
                if (depth_[at(there)] >= 0) continue;
                depth_[at(there)] = depth_[at(here)] + 1;
                parent_edge_[at(there)] = e;
                const double rise = edge.from == here ? edge.rise_m : -edge.rise_m;
                height_m_[at(there)] = height_m_[at(here)] + rise;
                waiting.push_back(there);
            }
        }
    }

    int parent(int vertex) const {
        const Edge& edge = edges_[at(parent_edge_[at(vertex)])];
        return edge.from == vertex ? edge.to : edge.from;
    }

    // Both ways up the tree until they meet, and the edge between them. Round goes from where they
    // meet down the left way, over the edge, and up the right one.
    LevelLoop closed_by(const Edge& edge) const {
        LevelLoop loop;
        loop.closure_m = edge.rise_m - (height_m_[at(edge.to)] - height_m_[at(edge.from)]);
        std::vector<int> left{edge.from};
        std::vector<int> right{edge.to};
        int as_levelled = count(edge, true, loop);
        while (left.back() != right.back()) {
            const bool on_left = depth_[at(left.back())] >= depth_[at(right.back())];
            std::vector<int>& way = on_left ? left : right;
            const int vertex = way.back();
            const Edge& up = edges_[at(parent_edge_[at(vertex)])];
            as_levelled += count(up, on_left == (up.to == vertex), loop);
            way.push_back(parent(vertex));
        }
        std::vector<int> round(left.rbegin(), left.rend());
        round.insert(round.end(), right.begin(), right.end());
        name_points(round, loop);
        if (as_levelled < 0) {
            std::ranges::reverse(loop.points);
            loop.closure_m = -loop.closure_m;
        }
        return loop;
    }

    void name_points(const std::vector<int>& round, LevelLoop& loop) const {
        for (const int vertex : round) {
            if (is_point(vertex)) loop.points.push_back(book_.points[at(vertex - 1)]);
            if (vertex > static_cast<int>(book_.points.size())) ++loop.setups;
        }
        // Where the ways meet at a setup it was passed twice, and the points do not close.
        if (round.front() > 0 && !is_point(round.front())) {
            --loop.setups;
            loop.points.push_back(loop.points.front());
        }
    }

    // Returns 1 when the edge is passed as it was levelled, from a backsight up to the level or
    // from the level down to a foresight, and −1 the other way about.
    static int count(const Edge& edge, bool forwards, LevelLoop& loop) {
        (edge.benchmark ? loop.benchmarks : loop.readings) += 1;
        if (edge.benchmark) return 0;
        return forwards == edge.back ? 1 : -1;
    }

    const LevelBook& book_;
    std::vector<Edge> edges_;
    std::vector<int> parent_edge_;
    std::vector<int> depth_;  // -1: not reached
    std::vector<double> height_m_;
};

}  // namespace

std::vector<LevelLoop> level_loops(const LevelBook& book) {
    return Loops(book).find();
}

}  // namespace sondeline
