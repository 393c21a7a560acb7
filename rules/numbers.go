package rules

// NumberKeys are the numbers of a solved set-up that conditions (numbers.NAME)
// and holes in texts ({NAME}) may name: the keys of the contract's "numbers".
var NumberKeys = []string{
	"iso", "aperture", "shutter_s", "wb_k", "focal_mm", "nd_stops",
	"ambient_ev100", "background_ev100",
	"flash_power", "flash_gn_m", "flash_zoom_mm", "flash_panel_m", "panel_subject_m", "flash_subject_m", "led_subject_m", "camera_subject_m",
	"panel_size_m", "panel_pass", "panel_tilt_stops", "flash_loss_stops",
	"key_side_deg", "key_up_deg", "key_height_m", "feather_deg",
	"fill_panel_m", "fill_stops", "rim_power", "rim_subject_m", "rim_zoom_mm", "background_light_power", "background_light_m",
	"subject_stops", "ambient_stops", "flash_stops", "background_stops", "key_fill_stops", "key_fill_ratio",
	"source_deg", "shadow_edge_mm",
	"socket_cheek_stops", "socket_cheek_stops_before", "chin_cheek_stops", "chin_cheek_stops_before", "forehead_cheek_stops", "forehead_cheek_stops_before",
	"depth_near_m", "depth_far_m", "flashes", "recycle_s", "pace_s",
	"ballast_kg", "tip_gust_ms", "wind_limit_ms",
}
