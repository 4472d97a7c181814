/* src/layout/lane.h: what one lane does in a round (lane.c). */
#ifndef SWI_LANE_H
#define SWI_LANE_H

#include "lanes.h"

/* Walks until the lane's budget is used up or the search is to stop. */
void swi_lane_round(swi_lanes *l, swi_lane *lane);
/* Shows a lane's best plan to the watch. */
void swi_lane_publish(swi_lanes *l, const swi_sketch *best);

#endif
